"""The job sheet, from text to a job."""
