"""Events as rows: reading files of them, planning an import, writing an export."""
