"""What makes a record parametric: parameters, builds, shapes and their materials."""
