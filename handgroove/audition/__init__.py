"""Listen and choose: several readings of the same bars, heard against each other and compared by number."""
