"""What the .blend keeps: the designer's choices, the rows that panels show, and ids of results in memory."""
