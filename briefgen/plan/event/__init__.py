"""The pass backward from T: hold, run-in, slips, the ceremony, the formation over the centre."""
