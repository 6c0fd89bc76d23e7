package timecode

// Nibble returns what the piece (0 to 7) of a quarter frame message says about
// the address: four bits.
func (t Time) Nibble(piece byte) byte {
	switch piece {
	case 0, 1:
		return t.Frame >> (4 * piece) & 0xF
	case 2, 3:
		return t.Seconds >> (4 * (piece - 2)) & 0xF
	case 4, 5:
		return t.Minutes >> (4 * (piece - 4)) & 0xF
	case 6:
		return t.Hours & 0xF
	}
	return t.Hours>>4&1 | byte(t.Rate)<<1
}

// Quarter returns the nth quarter frame since midnight: the piece and what it
// says. Piece 0 belongs to the instant of an even frame, and the seven that
// follow say the same address.
func (r Rate) Quarter(n int64) (piece, nibble byte) {
	n = (n%(4*r.Day()) + 4*r.Day()) % (4 * r.Day())
	piece = byte(n % 8)
	return piece, r.Frame(n / 8 * 2).Nibble(piece)
}

// QuarterFrames puts quarter frame messages together. The zero value is ready.
type QuarterFrames struct {
	nibbles [8]byte
	have    int  // pieces in a row, ending with the last
	piece   byte // the last one, and when locked the next
	locked  bool
	proven  int  // pieces since then that agreed
	frame   Time // when locked, the address that the pieces say
}

// proof is how many further pieces must agree with an address that was put
// together: those of frames and seconds, for a jump between the pieces makes
// an address that never was.
const proof = 4

// Feed takes the next quarter frame. Once the pieces 0 to 7 in a row have made
// an address, and four more agreed, it returns at every piece the instant that
// the piece marks, in quarters of a frame since midnight: nothing needs to be added
// for the two frames that a whole address takes. A piece that says something
// else than time going on unlocks it; so does time that runs backwards, which
// lights do not follow.
func (q *QuarterFrames) Feed(piece, nibble byte) (rate Rate, quarter int64, locked bool) {
	piece, nibble = piece&7, nibble&15
	if q.locked {
		t := q.frame
		if piece == q.piece && nibble == t.Nibble(piece) {
			quarter = 4*t.Count() + int64(piece)
			q.advance()
			q.proven = min(q.proven+1, proof)
			return t.Rate, quarter, q.proven == proof
		}
		q.Reset()
	}
	switch {
	case piece == 0:
		q.have = 0
	case q.have == 0 || piece != q.piece+1:
		q.have = 0
		return 0, 0, false
	}
	q.nibbles[piece], q.piece = nibble, piece
	if q.have++; q.have == 8 {
		q.lock()
	}
	return 0, 0, false
}

// advance goes on to the next piece; after the last the address is two frames
// later. A sender may have begun on an odd frame, so it counts from its own.
func (q *QuarterFrames) advance() {
	if q.piece = (q.piece + 1) % 8; q.piece == 0 {
		q.frame = q.frame.Add(2)
	}
}

// lock puts the eight pieces together, low half of each number first; the last piece also has
// the rate. The pieces took two frames to come, hence the advance.
func (q *QuarterFrames) lock() {
	n := q.nibbles
	t := Time{Rate: Rate(n[7] >> 1 & 3), Frame: n[0] | n[1]<<4, Seconds: n[2] | n[3]<<4, Minutes: n[4] | n[5]<<4, Hours: n[6] | n[7]&1<<4}
	if t.Check() != nil {
		q.Reset()
		return
	}
	q.frame, q.locked, q.proven = t, true, 0
	q.advance()
}

// Reset forgets everything, as after a full message or a pause.
func (q *QuarterFrames) Reset() { *q = QuarterFrames{} }
