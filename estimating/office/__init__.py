"""Pages of owner and office: rates, the estimate of a job, its proposals."""
