"""What one value cannot show: ids that must exist, figures that must fit each other. One small function a
rule."""
