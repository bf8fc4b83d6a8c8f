"""When something happened, as people say it: days, hours, the moment behind an @, one time for a line or several."""
