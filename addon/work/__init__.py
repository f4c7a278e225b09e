"""Long work beside the modeller: a process of its own reads, designs and writes; the modeller asks how far it is."""
