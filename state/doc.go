// Package state sorts the records of one site into what they speak of: the
// orders, the vials and everything that was drawn from them.
//
// # Groups
//
// Whatever entries bring together is a group: an order with the containers of
// its dose, the vials they were drawn from, and the other orders that were
// drawn from those. Its records and the site's settings are all that the fold
// needs to reckon it, and no record of another group moves a figure of it:
// activity joins containers by draws, returns and transfers only, and each set
// of joined containers is reckoned with common factors of its own (package
// journal). A waste item joins nothing, since parts of many groups end in one
// bin, and neither does a patient.
//
// A correction that moves a draw to another vial forms the groups anew, and
// both count as changed by it.
//
// # Extract
//
// [Books.Records] gives the records of groups with the settings and with what
// was recorded of the site on the days of their work, in the order of the
// journal. Each record keeps its number for ever: that is how corrections and
// pages name it.
package state
