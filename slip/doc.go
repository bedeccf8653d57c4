// Package slip finds which entry of a preparation's books has slipped, by
// comparing hypotheses.
//
// A fit of all readings is bent by a slipped one, and its residuals accuse the
// wrong entry. So for every set of the books (the containers that activity has
// moved between) the probability of the data is reckoned under
//
//	H0      all entries are honest
//	H(i,s)  entry i is a slip of the kind s, all others are honest
//	P(i,j)  entries i and j both slipped, in ways unknown
//
// and the posterior odds follow from the priors p(s):
//
//	O(i,s) = p(s)·Σ_w π_w·|dT/dy|·N(T_s(y_i); μ_iw, σ_iw) / N(y_i; μ_iw, σ_iw)
//
// y_i is what was typed and T_s(y_i) what was meant; μ_iw ± σ_iw is what the
// other data predict of it, with it left out ([vialwright/ledger.Rest]). The
// ways w are which of the data lie in their tails, π_w the probability of each
// given all data and H0: a label, the yield of a draw and now and then a reading
// lie further off than they say. A label and the volume of a draw are data in
// every hypothesis, and weak ones.
//
// Beside the slips of writing stand the physical explanations: nothing drawn,
// drawn twice, drawn from or into another container. They change the books
// themselves, so that the evidence of the changed books is reckoned. A reading
// that a connected meter sent has no digit or unit that could slip.
//
// The priors are in judge.go. The theory, the rule of decision and what a sweep
// over invented books has shown are in docs/theory/slips.md.
//
// # Domain of validity
//
// That of package ledger; sets of up to some tens of entries with at most one
// slip. Two slips are noticed and not told apart. A slip that is small beside
// what the others can predict is not found.
package slip
