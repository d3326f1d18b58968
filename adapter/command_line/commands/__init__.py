"""The commands, one a module: what `otherloaf NAME` takes and does. A module here is a command."""
