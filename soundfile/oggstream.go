package soundfile

import (
	"errors"
	"fmt"
	"io"

	"lampblack/soundfile/internal/flac"
	"lampblack/soundfile/internal/ogg"
)

// An oggCodec decodes the packets of one logical stream.
type oggCodec interface {
	// header takes the next header packet; ready is true after the last one.
	header(packet []byte) (ready bool, err error)
	// decode returns the interleaved samples of a packet, valid until the next
	// call; an error means that this packet is damaged.
	decode(packet []byte) ([]float32, error)
	format() Format
	// skip is how many frames at the beginning are not sound.
	skip() int64
}

// newOggCodec returns the codec whose first packet begins so, or nil.
func newOggCodec(packet []byte) oggCodec {
	switch {
	case isVorbisHead(packet):
		return &vorbisCodec{}
	case isOpusHead(packet):
		return &opusCodec{}
	}
	return nil
}

// openOgg decodes up to the first sound, since only then the format is known.
func openOgg(src *source) (Stream, error) {
	reader := ogg.NewReader(src)
	packets := ogg.NewPackets(reader)
	first, err := packets.Next()
	if err != nil {
		return nil, fmt.Errorf("ogg: no whole packet: %w", io.ErrUnexpectedEOF)
	}
	if len(first.Data) >= 13+34 && string(first.Data[:5]) == "\x7fFLAC" {
		return openOggFLAC(reader, packets, first)
	}
	// Begin again, so that the decoder sees the first packet of each stream.
	if err := src.seek(0); err != nil {
		return nil, err
	}
	reader = ogg.NewReader(src)
	d := &oggDecoder{reader: reader, packets: ogg.NewPackets(reader)}
	block, err := d.next()
	if err != nil && !errors.Is(err, io.EOF) || !d.known {
		if d.fault != nil {
			err = d.fault
		}
		if err == nil || errors.Is(err, io.EOF) {
			err = fmt.Errorf("%w: ogg without Vorbis, Opus or FLAC in it", errNotOurs)
		}
		return nil, err
	}
	d.ready = append([]float32(nil), block...)
	f := d.format
	if f.Frames, err = d.length(src); err != nil {
		return nil, err
	}
	return newStream(f, d)
}

// openOggFLAC reads FLAC in Ogg (RFC 9639, section 10.1): the first packet holds
// STREAMINFO, each audio packet is a frame.
func openOggFLAC(reader *ogg.Reader, packets *ogg.Packets, first ogg.Packet) (Stream, error) {
	// 13 bytes of mapping ("\x7fFLAC", version, count of headers, "fLaC"), 4 of the metadata
	// block's header.
	info := flac.ParseInfo(first.Data[13+4:][:34])
	r := ogg.Concatenate(packets, first.Serial)
	return newStream(flacFormat(info), &flacDecoder{flac.NewDecoder(r, info), reader})
}

// oggDecoder plays the links of a chain one after the other. A link is a logical stream;
// a file of one piece is a chain of one link.
//
//	packets ─▶ link: headers, then sound, gathered until its page tells where it
//	                 belongs ─settle─▶ emit ─fit─▶ out
type oggDecoder struct {
	reader  *ogg.Reader
	packets *ogg.Packets
	format  Format // of the first link, and so of the stream
	known   bool
	ready   []float32 // decoded at opening
	link    *oggLink
	first   struct {
		serial uint32
		start  int64 // granule of the first sample
		whole  bool  // the link's only page: start tells nothing
		frames int64
	}
	// What remarks tells: packets that did not decode, frames put in as silence.
	damaged int // packets
	silent  int64
	fault   error // why a link could not be read
	out     []float32
}

// oggLink is one logical stream being decoded. Positions and lengths are in frames of its
// own rate; page is interleaved.
type oggLink struct {
	codec  oggCodec
	serial uint32
	heads  bool // headers are still to come
	data   bool // sound was decoded
	paged  bool // a granule was seen
	gap    bool
	pos    int64 // granule at the end of what was settled
	skip   int64
	page   []float32 // decoded, not settled
	fit    *linkFit  // nil when the link has the stream's format
}

// maxUnsettled bounds what waits for the granule of its page, in samples.
const maxUnsettled = 1 << 20

// next returns what the next packets settle. At the end the sound that still waits for a
// granule comes first and the error with the call after it.
func (d *oggDecoder) next() ([]float32, error) {
	if d.ready != nil {
		out := d.ready
		d.ready = nil
		return out, nil
	}
	d.out = d.out[:0]
	for len(d.out) == 0 {
		k, err := d.packets.Next()
		if err != nil {
			d.endLink()
			if len(d.out) > 0 && errors.Is(err, io.EOF) {
				break // the next call meets the end again
			}
			return d.out, err
		}
		d.packet(k)
	}
	return d.out, nil
}

// packet does with one packet what the state of its link asks for. Packets of other
// streams beside the link, pictures or a second sound, are passed over.
func (d *oggDecoder) packet(k ogg.Packet) {
	if d.mayBegin(k) {
		if c := newOggCodec(k.Data); c != nil {
			d.endLink()
			d.link = &oggLink{codec: c, serial: k.Serial, heads: true}
		}
	}
	l := d.link
	if l == nil || k.Serial != l.serial {
		return
	}
	if l.heads {
		d.head(k)
		return
	}
	l.gap = l.gap || k.Gap
	block, err := decodePacket(l.codec, k.Data)
	if err != nil {
		d.damaged++
		l.gap = true
	}
	l.page = append(l.page, block...)
	l.data = true
	// A packet of long silence without a granule is not kept for ever.
	if k.Granule >= 0 {
		d.settle(k)
	} else if len(l.page) > maxUnsettled {
		d.emit(l.page)
		l.pos += int64(len(l.page) / l.codec.format().Channels)
		l.page = l.page[:0]
	}
}

// mayBegin tells whether the packet can be the first of a new link: on the first page
// of its stream, and behind the sound of the link at hand. Of streams that begin side by
// side the first that can be decoded is played. One with the serial number of the link
// at hand is another link, from a file put together of copies, unless it is one more
// packet of the first page of the same headers.
func (d *oggDecoder) mayBegin(k ogg.Packet) bool {
	switch l := d.link; {
	case !k.Begin:
		return false
	case l == nil:
		return true
	case k.Serial == l.serial:
		return !l.heads
	default:
		return l.data
	}
}

// decodePacket turns a codec's panic into an error.
func decodePacket(c oggCodec, packet []byte) (block []float32, err error) {
	defer func() {
		if r := recover(); r != nil {
			block, err = nil, fmt.Errorf("%v", r)
		}
	}()
	return c.decode(packet)
}

// head feeds a header packet, and starts the link after the last.
func (d *oggDecoder) head(k ogg.Packet) {
	l := d.link
	ready, err := l.codec.header(k.Data)
	if err == nil && ready {
		err = l.codec.format().check()
	}
	if err != nil {
		d.fault, d.link = err, nil
		return
	}
	if !ready {
		return
	}
	l.heads = false
	l.skip = l.codec.skip()
	f := l.codec.format()
	if !d.known {
		d.known, d.format = true, f
		d.first.serial = k.Serial
	}
	if f.Rate != d.format.Rate || f.Channels != d.format.Channels {
		l.fit = newLinkFit(f, d.format)
	}
}

// settle places the samples of a page by its granule: the position of the page's
// end counted from the encoder's zero. A first page that holds more than that
// began before zero; a last one is cut at its end (Vorbis I, A.2; RFC 7845,
// sections 4.3 and 4.4). Lost sound becomes silence.
//
//	           l.pos                  l.pos+n
//	first      │cut│ what is told      │ granule      began before zero
//	last       │ what is told      │cut│              granule before the end
//	after gap  │ silence   │ page      │              granule far behind l.pos+n
//
// A page that is first and last at once is cut behind: it cannot be told from one that
// began before zero, and to end too early is what encoders of short sounds do.
func (d *oggDecoder) settle(k ogg.Packet) {
	l := d.link
	ch := l.codec.format().Channels
	n := int64(len(l.page) / ch)
	cutFront, cutBack, fill := int64(0), int64(0), int64(0)
	switch {
	case !l.paged && k.End:
		cutBack = max(l.pos+n-k.Granule, 0)
	case !l.paged:
		cutFront = max(l.pos+n-k.Granule, 0)
	case k.End && k.Granule < l.pos+n:
		cutBack = l.pos + n - k.Granule
	case l.gap && k.Granule > l.pos+n:
		fill = k.Granule - l.pos - n
		if fill > 60*int64(d.format.Rate) {
			fill = 0 // a granule that leaps so far is damage itself
		}
	}
	if !l.paged && l.serial == d.first.serial {
		d.first.start, d.first.whole = max(k.Granule-l.pos-n, 0), k.End
		d.first.frames = n - min(cutBack, n) - l.skip
	}
	d.silence(fill * int64(ch))
	d.silent += fill
	cutFront = min(cutFront, n)
	cutBack = min(cutBack, n-cutFront)
	d.emit(l.page[cutFront*int64(ch) : (n-cutBack)*int64(ch)])
	l.page = l.page[:0]
	l.paged, l.gap, l.pos = true, false, k.Granule
}

// silence emits n samples of it.
func (d *oggDecoder) silence(n int64) {
	zeros := make([]float32, min(n, 4096*int64(d.link.codec.format().Channels)))
	for n > 0 {
		k := min(n, int64(len(zeros)))
		d.emit(zeros[:k])
		n -= k
	}
}

// emit hands on the samples of the current link, fitted to the stream, but for the first
// skip frames, which the codec's header tells to drop (Opus's pre-skip).
func (d *oggDecoder) emit(s []float32) {
	l := d.link
	ch := int64(l.codec.format().Channels)
	cut := min(l.skip, int64(len(s))/ch)
	l.skip -= cut
	s = s[cut*ch:]
	if l.fit != nil {
		d.out = l.fit.append(d.out, s)
		return
	}
	d.out = append(d.out, s...)
}

// endLink emits what waits and closes the link.
func (d *oggDecoder) endLink() {
	if d.link == nil {
		return
	}
	d.emit(d.link.page)
	if d.link.fit != nil {
		d.out = d.link.fit.flush(d.out)
	}
	d.link = nil
}

// length finds the frames of an unchained stream from its last granule, and
// leaves src where it was. It is -1 for a chain, whose links only decoding finds. It goes
// by page headers alone, whose check sums it does not see: if the file is damaged the
// stream ends when its packets do, and the notes say so.
func (d *oggDecoder) length(src *source) (int64, error) {
	back := src.pos
	sum, err := ogg.Summarise(src.raw)
	if seekErr := src.seek(back); err == nil {
		err = seekErr
	}
	if err != nil || sum.Chained || sum.Serial != d.first.serial {
		return -1, err
	}
	if d.first.whole {
		return max(d.first.frames, 0), nil
	}
	n := sum.Granule - d.first.start - d.initialSkip()
	if n < 0 {
		return -1, nil
	}
	return n, nil
}

// initialSkip is the skip of the first link, of which l.skip has already lost some.
func (d *oggDecoder) initialSkip() int64 {
	if d.link == nil {
		return 0
	}
	return d.link.codec.skip()
}

func (d *oggDecoder) remarks() []string {
	var out []string
	if n := d.reader.Skipped(); n > 0 {
		out = append(out, fmt.Sprintf("%d bytes that are no whole page were passed over", n))
	}
	if d.damaged > 0 {
		out = append(out, fmt.Sprintf("%d packets are damaged", d.damaged))
	}
	if d.silent > 0 {
		out = append(out, fmt.Sprintf("%d lost samples are silent", d.silent))
	}
	if d.known && d.fault != nil {
		out = append(out, fmt.Sprintf("a part of the file could not be read: %v", d.fault))
	}
	return out
}

func (d *oggDecoder) close() error { return nil }
