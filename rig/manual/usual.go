package manual

// Usual is the light of an emitter of which only the colour is told, as a type's file has it:
// its spectrum, and an output as wide as what is sold. It is false for a word that no emitter has.
func Usual(emitter string) (text string, known bool) {
	text, known = generic[emitter]
	return text, known
}
