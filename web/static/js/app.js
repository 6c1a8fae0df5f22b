// Behaviours are attached to data-* attributes; every page works without them.
import "./guard.js";
import "./theme.js";
import "./repeat.js";
import "./zone.js";
import "./load.js";
import "./find.js";
