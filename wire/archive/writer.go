package archive

import (
	"bytes"
	"encoding/xml"
	"strings"
)

// Writer writes a document, an element a line, indented by its depth. Attributes are names
// and values in turn.
type Writer struct {
	b     []byte
	depth int
}

// NewWriter begins a document after what b holds.
func NewWriter(b []byte) *Writer { return &Writer{b: append(b, xml.Header...)} }

// Bytes is what was written.
func (w *Writer) Bytes() []byte { return w.b }

// start writes a start tag.
func (w *Writer) start(name string, attr []string, end string) {
	w.b = append(w.b, strings.Repeat("  ", w.depth)+"<"+name...)
	for i := 0; i < len(attr); i += 2 {
		w.b = append(w.b, " "+attr[i]+`="`...)
		w.escape(attr[i+1])
		w.b = append(w.b, '"')
	}
	w.b = append(w.b, end...)
}

// escape writes text with XML's marks made harmless.
func (w *Writer) escape(s string) {
	var out bytes.Buffer
	xml.EscapeText(&out, []byte(s)) // a bytes.Buffer returns no error
	w.b = append(w.b, out.Bytes()...)
}

// Open writes the start of an element that has children, Close its end.
func (w *Writer) Open(name string, attr ...string) {
	w.start(name, attr, ">\n")
	w.depth++
}

// Close ends the element that was opened last.
func (w *Writer) Close(name string) {
	w.depth--
	w.b = append(w.b, strings.Repeat("  ", w.depth)+"</"+name+">\n"...)
}

// Empty writes an element without children.
func (w *Writer) Empty(name string, attr ...string) { w.start(name, attr, "/>\n") }

// Text writes an element that holds text alone, on one line.
func (w *Writer) Text(name, text string, attr ...string) {
	w.start(name, attr, ">")
	w.escape(text)
	w.b = append(w.b, "</"+name+">\n"...)
}
