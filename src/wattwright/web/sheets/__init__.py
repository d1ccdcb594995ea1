"""The pages of a job, a module for each: the sections of its paper and the figures of its pictures."""
