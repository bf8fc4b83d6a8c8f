"""The entry line: one grammar for the screen, the command line and the amending of events.

``[tags] verb facts [; verb facts ...] [@when] ["note"]``

`tokens` splits a line into words that know where they stand, `clauses` finds its reeds, verbs and time; `verbs`
declares what each verb takes and how else it is said, and `facts` reads it, with `measures` and `when` for numbers and
moments and `spoken` for small words. `reading` puts it together with the bench and says what would be recorded,
`beside` for what is not a reed; `preview` puts that in words and `recording` in records. `completion`, with its
`suggestions`, and `writing` go the other way, from what is known to text; `amending` reads an event's own line again.
"""
