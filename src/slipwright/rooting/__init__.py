"""What a batch will do: two clocks, of rooting and of loss, learned from the handbook and every look."""
