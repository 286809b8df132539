"""Documents, text tables, exports, display units and charts."""
