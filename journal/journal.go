// Package journal keeps what testers recorded: signed facts that are never
// changed, only replaced by later facts or, for good reasons, shunned.
//
// A record's id is the hash of its stored bytes, so merging two benches is the
// union of two sets: a retry does no harm and no order matters. What stands for
// a subject is worked out from the set alone (Fold). No clock settles anything:
// where two records contradict each other, both are shown to a person.
//
// The package refuses to read a record in any other form than the one it was
// written in, to apply what another author would like to see replaced, and to
// interpret bodies: a Kind registered by the caller does that.
//
// Read record.go, key.go, fold.go; then store.go, exchange.go, merge.go and
// verify.go. Adapters share committer.go and hub.go.
package journal
