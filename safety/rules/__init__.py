"""What a hazard statement says, what a label carries and what a notice tells: rules without Django."""
