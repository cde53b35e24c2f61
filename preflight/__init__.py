"""Is this artwork fit for this board, this mesh and this halftone?"""
