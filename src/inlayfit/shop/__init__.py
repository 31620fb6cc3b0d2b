"""The shop round the joint: moisture, blanks, hold-downs, glue, levelling and time."""
