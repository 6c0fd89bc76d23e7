package check

import (
	"encoding/json"
	"io"
)

// WriteJSON writes {"findings": [...]}.
func WriteJSON(w io.Writer, list []Finding) error {
	if list == nil {
		list = []Finding{}
	}
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(map[string][]Finding{"findings": list})
}
