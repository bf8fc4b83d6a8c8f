"""The entry line: one grammar for the screen, the command line and the amending of events.

``[tags] verb facts [; verb facts ...] [@when] ["note"]``

`tokens` splits a line into words that know where they stand; `verbs` declares what each verb takes; `facts` reads a
verb's facts; `reading` puts it together with the bench and says what would be recorded; `completion` and `writing`
go the other way, from what is known to text.
"""
