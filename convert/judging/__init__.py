"""How well a piece shows its picture: from afar, in its detail, and at which size."""
