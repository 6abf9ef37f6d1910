"""From shaft angles to link poses: joints through their linkages, then the tree of links."""
