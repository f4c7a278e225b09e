"""What every room of the package stands on: errors, findings, frames, pipe axes."""
