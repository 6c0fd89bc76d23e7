package rig

import "lampblack/source"

// JSONSchema describes a slot table: numbers of slots, or pairs of them, to what
// they do.
func (*Mode) JSONSchema() map[string]any {
	return map[string]any{
		"type":        "object",
		"description": "slot numbers, or coarse-fine pairs as 5-6, to what the slot does",
		"patternProperties": map[string]any{
			`^[0-9]{1,3}( *- *[0-9]{1,3})?$`: slotSchema(),
		},
		"additionalProperties": false,
	}
}

// slotSchema has a property for each of slotKeys, and ranges of values.
func slotSchema() map[string]any {
	return map[string]any{
		"type": "object",
		"properties": map[string]any{
			"drives": described(source.Form(""), "the emitter that it drives"),
			"dims":   described(source.Form([]string(nil)), "the emitters whose master it is, or all"),
			"cell":   described(source.Form(0), "the one cell that it drives, from 1; all when absent"),
			"curve":  source.Form(Curve{}),
			"idle":   described(source.Form(""), "what the maker calls a slot without use here"),
			"set":    map[string]any{"type": "integer", "minimum": 0, "maximum": 255, "description": "the value that it is held at"},
		},
		"patternProperties": map[string]any{
			`^[0-9]{1,3}( *- *[0-9]{1,3})?$`: map[string]any{
				"type":        "string",
				"description": "what the values of the range do",
				"pattern":     rangeWords(),
			},
		},
		"additionalProperties": false,
	}
}

// described adds the text that an editor shows beside the key.
func described(s map[string]any, text string) map[string]any {
	s["description"] = text
	return s
}
