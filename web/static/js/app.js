// Behaviours are attached to data-* attributes; every page works without them.
import "./outbox_store.js";
import "./outbox_show.js";
import "./outbox_row.js";
import "./refresh.js";
import "./outbox.js"; // before guard.js, which pays no heed to what it has taken
import "./guard.js";
import "./theme.js";
import "./repeat.js";
import "./zone.js";
import "./load.js";
import "./find.js";
import "./timer.js";
import "./secure.js";
