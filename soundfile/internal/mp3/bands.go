package mp3

// Widths of the scale factor bands in lines, by Header.band: 44.1, 48, 32 kHz of
// MPEG-1 (table B.8), 22.05, 24, 16 kHz of MPEG-2 (13818-3, table B.2), then
// 11.025, 12 and 8 kHz of MPEG-2.5, from memory and checked against another
// decoder's output.
var longWidths = [9][22]int{
	{4, 4, 4, 4, 4, 4, 6, 6, 8, 8, 10, 12, 16, 20, 24, 28, 34, 42, 50, 54, 76, 158},
	{4, 4, 4, 4, 4, 4, 6, 6, 6, 8, 10, 12, 16, 18, 22, 28, 34, 40, 46, 54, 54, 192},
	{4, 4, 4, 4, 4, 4, 6, 6, 8, 10, 12, 16, 20, 24, 30, 38, 46, 56, 68, 84, 102, 26},
	{6, 6, 6, 6, 6, 6, 8, 10, 12, 14, 16, 20, 24, 28, 32, 38, 46, 52, 60, 68, 58, 54},
	{6, 6, 6, 6, 6, 6, 8, 10, 12, 14, 16, 18, 22, 26, 32, 38, 46, 54, 62, 70, 76, 36},
	{6, 6, 6, 6, 6, 6, 8, 10, 12, 14, 16, 20, 24, 28, 32, 38, 46, 52, 60, 68, 58, 54},
	{6, 6, 6, 6, 6, 6, 8, 10, 12, 14, 16, 20, 24, 28, 32, 38, 46, 52, 60, 68, 58, 54},
	{6, 6, 6, 6, 6, 6, 8, 10, 12, 14, 16, 20, 24, 28, 32, 38, 46, 52, 60, 68, 58, 54},
	{12, 12, 12, 12, 12, 12, 16, 20, 24, 28, 32, 40, 48, 56, 64, 76, 90, 2, 2, 2, 2, 2},
}

// shortWidths are those of one of the three windows.
var shortWidths = [9][13]int{
	{4, 4, 4, 4, 6, 8, 10, 12, 14, 18, 22, 30, 56},
	{4, 4, 4, 4, 6, 6, 10, 12, 14, 16, 20, 26, 66},
	{4, 4, 4, 4, 6, 8, 12, 16, 20, 26, 34, 42, 12},
	{4, 4, 4, 6, 6, 8, 10, 14, 18, 26, 32, 42, 18},
	{4, 4, 4, 6, 8, 10, 12, 14, 18, 24, 32, 44, 12},
	{4, 4, 4, 6, 8, 10, 12, 14, 18, 24, 30, 40, 18},
	{4, 4, 4, 6, 8, 10, 12, 14, 18, 24, 30, 40, 18},
	{4, 4, 4, 6, 8, 10, 12, 14, 18, 24, 30, 40, 18},
	{8, 8, 8, 12, 16, 20, 24, 28, 36, 2, 2, 2, 26},
}

// longStarts are the first lines of the long bands, and the end.
var longStarts = func() (s [9][23]int) {
	for row := range s {
		for i, w := range longWidths[row] {
			s[row][i+1] = s[row][i] + w
		}
	}
	return s
}()

// maxBands: a mixed block has at most 8 long bands and 3 windows in 10 others, a
// short one 3 windows in 13.
const maxBands = 39

// layout lists the bands of a granule in the order in which their lines are
// coded: first the long ones, then for each short band its three windows.
type layout struct {
	width [maxBands]int
	n     int
	long  int // of the n
}

// layouts by Header.band and kind: long, short, mixed.
var layouts = func() (all [9][3]layout) {
	for row := range all {
		l := &all[row]
		l[0].addLong(row, lines)
		l[1].addShort(row, 0)
		l[2].addLong(row, 36) // the two lowest subbands (2.4.3.4.10.3)
		l[2].addShort(row, 36)
	}
	return all
}()

// addLong adds the bands of long blocks that begin before line end: all, or those of a mixed
// block's lower part.
func (l *layout) addLong(row, end int) {
	for _, w := range longWidths[row] {
		if end <= 0 {
			break
		}
		l.width[l.n] = w
		l.n++
		end -= w
	}
	l.long = l.n
}

// addShort adds the short bands from line start on. At 8 kHz a band straddles
// the border of a mixed block; its upper part stays.
func (l *layout) addShort(row, start int) {
	for _, w := range shortWidths[row] {
		// start counts lines of all three windows, w those of one.
		use := min(w, max(0, w-start/3))
		start = max(0, start-3*w)
		for range 3 {
			if use > 0 {
				l.width[l.n] = use
				l.n++
			}
		}
	}
}

// layout returns the order of the channel's bands. Only short blocks can be mixed.
func (c *channelInfo) layout(h Header) *layout {
	kind := 0
	if c.block == shortBlock {
		kind = 1
		if c.mixed {
			kind = 2
		}
	}
	return &layouts[h.band()][kind]
}
