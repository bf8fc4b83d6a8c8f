"""Will there be enough for every engagement to come, and what must be tied in which week?

`capacity` is what she can tie in a week; `course` lets the reeds of one instrument wear through all engagements;
`planning` looks for the fewest blanks; `question` asks and `telling` puts the answer in words.
"""
