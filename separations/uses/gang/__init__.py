"""Several jobs on one film for each ink."""
