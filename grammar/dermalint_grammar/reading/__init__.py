"""From Lark's tree to the tree of ``nodes``, part by part.  Imported only when a text is parsed, since it needs Lark."""
