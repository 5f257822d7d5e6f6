"""What trains and checks the judge of signs."""
