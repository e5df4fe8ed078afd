"""Reports: one module a format, each imported only when its format is asked for."""
