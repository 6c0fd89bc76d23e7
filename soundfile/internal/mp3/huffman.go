package mp3

import "strings"

// A code is one Huffman table made for look-up: the next bits select a cell of
// the first level, and for longer words one of a second level behind it.
type code struct {
	cells []uint32
	first int // bits of the first level
}

// firstBits is the width of the first level: nearly all words are shorter.
const firstBits = 8

// A cell holds, for a word: its length in the low byte and its value above; for
// a link to the second level: the link bit, the bits of that level in the low
// byte, its position in cells above.
const linkCell = 1 << 31

// find returns the length and the value of the word that begins the window.
func (c *code) find(w uint64) (length int, value uint32) {
	cell := c.cells[w>>(64-c.first)]
	if cell&linkCell != 0 {
		rest := w << c.first >> (64 - cell&0xFF)
		cell = c.cells[uint64(cell&^linkCell>>8)+rest]
	}
	return int(cell & 0xFF), cell >> 8
}

// pairCodes and quads are built from the printed words. A pair's value is x<<4|y.
var (
	pairCodes = buildPairCodes()
	quads     = [2]*code{buildCode(quadValues(quadCodes[0])), buildCode(quadValues(quadCodes[1]))}
)

// buildPairCodes turns the printed words of each table, a square of words, into codes.
// The tables that share words differ in linbits alone.
func buildPairCodes() (tables [32]*code) {
	for i, printed := range huffmanCodes {
		words := strings.Fields(printed)
		side := 1
		for side*side < len(words) {
			side++
		}
		byWord := map[string]uint32{}
		for k, w := range words {
			byWord[w] = uint32(k/side<<4 | k%side)
		}
		tables[i] = buildCode(byWord)
	}
	for i := 17; i < 24; i++ {
		tables[i] = tables[16]
	}
	for i := 25; i < 32; i++ {
		tables[i] = tables[24]
	}
	return tables
}

// quadValues gives each printed word its place, which is the four values as bits.
func quadValues(printed string) map[string]uint32 {
	byWord := map[string]uint32{}
	for k, w := range strings.Fields(printed) {
		byWord[w] = uint32(k)
	}
	return byWord
}

// buildCode lays the words out in two levels. A word shorter than the level it stands in
// fills all cells that begin with it; words longer than the first level share a second
// level with all that begin with the same firstBits bits, as wide as the longest needs.
func buildCode(words map[string]uint32) *code {
	longest := 0
	second := map[string]int{} // first-level bits -> bits that the second level needs
	for w := range words {
		longest = max(longest, len(w))
		if len(w) > firstBits {
			p := w[:firstBits]
			second[p] = max(second[p], len(w)-firstBits)
		}
	}
	c := &code{first: min(firstBits, longest)}
	c.cells = make([]uint32, 1<<c.first)
	at := map[string]int{}
	for p, n := range second {
		at[p] = len(c.cells)
		c.cells[number(p)] = linkCell | uint32(len(c.cells))<<8 | uint32(n)
		c.cells = append(c.cells, make([]uint32, 1<<n)...)
	}
	for w, v := range words {
		base, bits, level := 0, w, c.first
		if len(w) > firstBits {
			p := w[:firstBits]
			base, bits, level = at[p], w[firstBits:], second[p]
		}
		free := level - len(bits)
		for i := range 1 << free {
			c.cells[base+number(bits)<<free+i] = v<<8 | uint32(len(w))
		}
	}
	return c
}

func number(bits string) (n int) {
	for _, b := range bits {
		n = n<<1 | int(b-'0')
	}
	return n
}
