// Package draw makes the drawings: the board, a circuit, a ring with its readings, a
// reading on its scale, the half-cycle an RCD test starts on, what is open.
//
// A drawing is a [Picture]: strokes, fills, marks and labels on a grid of cells, with
// no idea of where it will be shown. The builders ([Board], [Circuit], [Ring], [Scale],
// [Cycle], [Ledger]) lay one out for a number of columns from what a rig or a session
// holds. They are pure, judge nothing and hold no word: every text comes from the
// catalogue through [Say]. Beside its strokes each picture carries Words, sentences that
// say the same, for whoever listens instead of looking.
//
// # Reading a picture
//
// The grid has W columns and H rows, x to the right, y down. Cell (x, y) covers the
// square from (x, y) to (x+1, y+1); whatever is placed "at" a cell is placed at its
// middle, (x+½, y+½). On a terminal a cell is a character ([Rows]). On paper it is a box of
// fixed size, by about 1 wide to 2 high; one that is as wide as a digit of the font
// keeps labels in their columns. Painted in this order nothing is hidden that matters:
//
//	Fills   shade the area; a fill is background and carries no number of its own
//	Strokes draw a line from the middle of one cell to the middle of another
//	Curves  draw a line through points given in cells, fractions included
//	Marks   draw a small sign in the middle of a cell
//	Labels  set the text: Cells(Text) columns from X on, the baseline in row Y
//
// A label never runs over another label, and a picture is complete in black: Tone says
// what a part is about, and is the second signal only. Whoever has room for more
// than Text draws the same picture larger; asking a builder for more columns gives more
// room between the parts.
package draw
