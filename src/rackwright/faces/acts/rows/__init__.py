"""What can be recorded, a row a type, by part of the job: keys, an example, and the act that its gate decides in."""
