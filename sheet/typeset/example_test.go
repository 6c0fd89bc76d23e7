package typeset_test

import (
	"bytes"
	"fmt"
	"os"
	"time"

	"lampblack/sheet/typeset"
)

// A list of two lamps: as text, as a table for spreadsheets, and on a page of A4.
func Example() {
	list := typeset.Document{Title: "Lamps", Blocks: []typeset.Block{&typeset.Table{
		Columns: []typeset.Column{{Head: "Unit", Bold: true}, {Head: "W", Right: true}},
		Rows:    []typeset.Row{{Cells: []string{"front left", "78"}}, {Cells: []string{"front right", "78"}}, {Cells: []string{"sum", "156"}, Bold: true}},
	}}}
	typeset.Text(os.Stdout, list)
	var table, pdf bytes.Buffer
	typeset.CSV(&table, list)
	pages := typeset.Set(typeset.A4, typeset.Foot{Left: "The Lantern Fish", Made: time.Date(2026, 11, 28, 0, 0, 0, 0, time.UTC)}, list)
	err := pages.PDF(&pdf)
	fmt.Println(len(pages.List), "page,", err, pdf.Len() > 1000, bytes.HasPrefix(table.Bytes(), []byte("Unit,W")))
	// Output:
	// # Lamps
	//
	// | Unit | W |
	// |---|---|
	// | front left | 78 |
	// | front right | 78 |
	// | **sum** | **156** |
	// 1 page, <nil> true true
}
