// Package instrument turns the lines that an activity meter writes to a serial
// port or TCP socket into readings.
//
// It listens and never sends a byte to a meter, keeps nothing, and decides
// nothing: a reading is what the display showed. The rule above all others is
// that a damaged, cut, joined or misunderstood line must not become a number.
// Where a choice had to be made, the line is refused and the refusal shown.
//
// # The line
//
// A site describes its meter's line by a pattern ([Description]). Text stands
// for itself, and
//
//	a space    one or more spaces or tabs
//	{value}    the number of the activity; required, once
//	{unit}     its unit; required, unless the description has a fixed unit
//	{state}    one of the texts that mean stable or unstable
//	{nuclide}  the meter's nuclide setting
//	{insert}   the insert or dipper in its well
//	{serial}   the meter's serial number
//	{skip}     any text, as short as what follows allows; more than once
//	{check}    the checksum in hexadecimal digits, right here
//	{from}     takes no room: the checksum begins here, else at the line's start
//	{to}       takes no room: the checksum ends here, else before {check}
//	{value:8}  a field that is 8 bytes wide, with blanks around its text or not;
//	           so may be all but {check}, {from} and {to}
//	{x02}      the byte with that hexadecimal number
//	{{ and }}  braces
//
// Without a width, {value}, {unit}, {nuclide}, {insert} and {serial} may have blanks
// before them; all but {value} end at the next blank or at the text that
// follows in the pattern, {value} ends where nothing more looks like a number,
// and {state} is the longest of the texts described that fits. Blanks at the
// end of the line are ignored. A pattern is followed from left to right without
// going back, so that every refusal has one place on the line. A pattern by
// which one line could be read in two ways is refused when it is described.
//
// # The number
//
//	number = [ "+" ] digits [ mark digits ] [ ( "e" | "E" ) [ "+" | "-" ] digits ]
//
// with a decimal point, or the decimal comma where the description says so.
// Refused are: a number below zero; grouped digits; a second mark; digits or a
// sign standing apart before the number; a zero in front, unless {value} has a
// width that it fills; the other decimal mark. The digits are kept as written
// ([quantity.Stated]), and number and unit are read by [quantity.Parse] alone,
// in becquerels, exactly. Domain: what that package reads, 64 bytes at most.
//
// # The unit
//
// A line without a unit is read only if the description has a fixed one. Then
// a text that the pattern passes over must not name another activity unit, so
// that a meter switched to another range or unit is found out.
//
// # Stability
//
// [Stable] is said only by a text that the description lists: one that is
// there, or a blank in a column of its own width. Any other text is refused. A
// reading that is not stable is handed on, and says so ([Unstable]); one from
// a line without such a field is [Unflagged].
//
// # The checksum
//
// xor and sum (modulo 256) over the bytes between {from} and {to}, two digits;
// or a CRC of 16 bits, four digits, high byte first, named as in the Catalogue
// of parametrised CRC algorithms (G. Cook): no final XOR, and
//
//	                 polynomial  initial  reflected  of "123456789"
//	crc16/arc        8005        0000     yes        BB3D
//	crc16/modbus     8005        FFFF     yes        4B37
//	crc16/kermit     1021        0000     yes        2189
//	crc16/xmodem     1021        0000     no         31C3
//	crc16/ibm-3740   1021        FFFF     no         29B1
//
// Without a checksum a character lost on the way cannot be noticed (12.5 and
// 2.5 are both numbers). A meter that can send one should.
//
// # The stream
//
// Two pieces that may belong to different lines are never joined. What arrives
// before the first line ending of a connection is set aside, even if it looks
// like a line; so is a line that was interrupted for longer than the gap (2 s),
// and what follows until the next ending; so is a line longer than allowed;
// so is the first line after such a pause of a meter that is described as
// sending steadily. Each is reported once, and the next line is read again.
// Empty lines are ignored. One danger remains for a meter that sends only when
// asked to: a cable that is plugged in again while a line is on its way, after
// a pause between lines, may cut off the first digits. A checksum, a fixed
// text at the beginning of the line or a {value} of fixed width find it out.
//
// A connection without a byte for 30 s is reported and kept. A lost one is
// made again after 0.5 s, 1 s, 2 s ... 30 s; the pauses start again when a
// line has come. An event has the time at which its line ended here: what
// a server on the way kept back comes late, and this package cannot know.
//
// # Worked example
//
// An invented meter writes
//
//	A17 Y-90   1234.5 MBq ST*5C
//
// which the pattern
//
//	{serial} {nuclide} {value} {unit} {state}{to}*{check}
//
// describes, with ST meaning stable, US unstable, and an xor checksum: the
// exclusive or of the 24 bytes from A to T is 5C. The reading is 1234.5 MBq,
// that is 1.2345e9 Bq, stable, of meter A17 set to Y-90.
//
// # Files
//
// Describing and reading lines (describe, template, ambiguous, match, parse,
// number, checksum, print, frame) and the simulated meter (simulation) do no
// input or output and know no clock. Connections and goroutines are in dial,
// read and simulate; they take the clock as a parameter.
package instrument
