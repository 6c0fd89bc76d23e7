package finding

import "fmt"

// Words are a sentence in its parts: a form as package fmt has it, and the typed
// values that go into it. A family of limits says what it found in Words; text
// is made of them at the edge, when a report takes the finding ([Report.Add]),
// so that another language is another table from forms to forms, and no limit
// knows of it. Nothing is decided by the text of a finding: who compares, signs
// or mends goes by identifier, place and values.
type Words struct {
	Form string
	Args []any // numbers with their units as [si.Amount], names as strings
	more []Words
}

// Say makes words of a form and its values.
func Say(form string, args ...any) Words { return Words{Form: form, Args: args} }

// And returns w with more behind it.
func (w Words) And(form string, args ...any) Words {
	w.more = append(w.more[:len(w.more):len(w.more)], Say(form, args...))
	return w
}

// String is what the words say, in the language of their forms: English.
func (w Words) String() string { return w.In(nil) }

// In says the words in a language: the form that it has for each form, for the
// same values in the same order (fmt's %[2]d takes another). A form that it
// lacks is said as it is.
func (w Words) In(language map[string]string) string {
	form, ok := language[w.Form]
	if !ok {
		form = w.Form
	}
	args := make([]any, len(w.Args))
	for i, a := range w.Args {
		if inner, ok := a.(Words); ok {
			a = inner.In(language)
		}
		args[i] = a
	}
	text := fmt.Sprintf(form, args...)
	for i := range w.more {
		text += w.more[i].In(language)
	}
	return text
}
