package typeset

import "lampblack/plate/drawing"

// Document is one paper: blocks under a title.
type Document struct {
	Title     string
	Blocks    []Block
	Landscape bool
}

// Block is a Heading, Words, Tasks, Blank, Table, Figure or Labels. There are no others.
type Block interface {
	set(s *setter)
	text(t *texter)
}

// Heading stands over what belongs to it, and is on the same page.
type Heading struct{ Text string }

// Words is a paragraph; [Strong] makes some of it bold, here and in cells.
type Words struct {
	Text    string
	Size    float64 // Usual when 0
	Bold    bool
	Centred bool
	Boxed   bool // a frame about it
	Changed bool
}

// Tasks are things to do, each behind a box to tick.
type Tasks struct {
	List []Task
	Size float64 // Usual when 0
}

// Task is one thing to do.
type Task struct {
	Text    string
	Plain   bool // it is there to be read: a dot and no box
	Changed bool
}

// Blank is lines to write on.
type Blank struct{ Lines int }

// Table is rows under the heads of columns, which stand on every page.
type Table struct {
	Name    string // what it is of; "" where the document has one table
	Columns []Column
	Rows    []Row
	Size    float64 // Usual when 0
	Ruled   bool    // lines between columns too, for tables that people write in
}

// Column is one column of a table.
type Column struct {
	Head  string
	Right bool // numbers end below one another
	Bold  bool
	Names bool    // a row is called by it; where no column says so, by the first that is bold
	Least float64 // how wide it is at least, in widths of a digit: room to write in
	Grow  bool    // it takes room that is left over
}

// Box is a cell with a box to tick.
const Box = "□"

// Row is a line of a table.
type Row struct {
	Cells   []string // by column; those that are missing are empty
	Bold    bool     // a sum
	Head    bool     // the first cell stands over the rows to come, across all columns
	Changed bool
}

// Figure is a drawing on the page, as large as there is room for; one with a scale as large as
// a usual scale of plans allows.
type Figure struct {
	Drawing *drawing.Drawing
	Metre   float64 // pixels of the drawing; 0 for one that is not to scale
	Note    string  // under it
	Changed bool
	Key     string // what it shows, as a text by which changes are found
}

// Labels is sheets of labels. They are alone in their document.
type Labels struct {
	Stock Stock
	List  []Label
}

// Label is one label.
type Label struct {
	Big   string   // the name, as large as it fits
	Lines []string // under it, the first of them bold
}
