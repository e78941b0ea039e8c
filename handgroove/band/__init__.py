"""Reading a whole band's file, and condensing it onto one piano."""
