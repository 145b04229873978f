"""What every room stands on: records, diagnostics, plain values, where files lie, what a page carries, the
fingerprint."""
