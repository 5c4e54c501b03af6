"""What a batch will do. For now from the handbook's ranges and the batch's own looks."""
