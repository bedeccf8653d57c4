// Package replica holds a site's journal as it was verified, what is at work in
// memory, sorted into groups ([state.Books]), and appends to it for many benches at once.
//
// # Reading
//
// [Open] reads the whole journal and verifies it. [OpenAt] begins from a
// [Replica.Checkpoint] of it that nobody can have changed, verifies what came since,
// and leaves the rest to [Replica.VerifyBehind], which goes on behind the pages. A page gets the records of
// the groups it shows with [Replica.File]; a file that was given out never
// changes. [Replica.CatchUp] reads what other processes have appended.
//
// Records of groups that nothing touched for sixty days are not held: they are
// read from the store when somebody looks, and have to lead from one hash that was
// verified to the next: each 32nd is held. A store that does not give again what it gave
// at first is a fault, and panics: no page is made from it.
//
// # Appending
//
// A store makes one append durable at a time, and while it does others come.
// They wait in a queue, and the one who has the turn next appends for all of them
// at once: fifty benches wait for two appends instead of fifty. Each is decided
// on by itself, with its groups as they are then, and refused by itself; of one
// batch no two touch the same group or the same new id. Only an error of the
// store is that of all it was to store.
//
// # Who collides with whom
//
// A page knows the number of the newest record it was made from. [Replica.Append]
// compares that with the newest record of the groups it names, and of nothing
// else. What an entry is decides what follows ([journal.Class]): an observation
// is never refused because something moved; an act, which happened, is shown
// what moved and goes in when it is sent again; a consent rests on what was
// shown and is refused.
//
// # Listening
//
// Anyone who listens is told of each record in its order, or let go if it falls
// behind; with the number of the last it saw it is then told what it missed.
package replica
