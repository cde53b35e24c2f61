"""Several boards, both sides of one, or a board and its small parts on one film an ink."""
