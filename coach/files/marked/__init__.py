"""The marked part: the source's own MusicXML tree with the marks pencilled in, and those marks taken out again.

`writing` puts a prep into a tree, kind by kind; `page` knows where on it; `ossia` adds the small staff for what is
written out; `mending` makes the document one of MusicXML 4.0. Everything added has an id that begins with `coach-`, and
the whole prep travels in a field of the file, so `embedded` finds the same piece and the same marks in it again.
"""
