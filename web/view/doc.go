// Package view turns finished values into pages. A page gets texts that are
// ready to be read: nothing is rounded, judged or worked out in a template,
// and html/template escapes every one of them for the place it stands in.
//
// Each page is a struct with a template of the same name, both in the room whose page
// it is.
// [Pages.Write] renders into memory first, so that a fault never leaves half a page.
//
// # Rules of the pages
//
//	one main heading, and landmarks: header, nav, main, footer
//	a control has a label of its own; an error stands beside its control, is
//	named by it (aria-describedby) and begins with the word "Error"
//	a severity has a word and a shape beside its colour
//	practice is written on every screen, above and below
//	the one field to fill in next has the focus when the page comes
//	nothing needs the script: it fetches what has changed, and keeps drafts
package view
