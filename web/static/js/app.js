// Behaviours are attached to data-* attributes; every page works without them.
import "./address.js"; // before anything else can see it
import "./outbox_store.js";
import "./outbox_show.js";
import "./outbox_row.js";
import "./refresh.js";
import "./outbox.js"; // before guard.js, which pays no heed to what it has taken
import "./guard.js";

// The rest may come later.
for (const name of ["./theme.js", "./repeat.js", "./zone.js", "./load.js", "./find.js", "./timer.js", "./live.js", "./secure.js"]) import(name);
