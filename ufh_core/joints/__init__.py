"""Movement joints of the screed: where it is parted, which pipes cross a joint, what is to be ordered for them."""
