"""From a mission file to a folder of products: the stages in order, the two workers, and the swap of whole
folders."""
