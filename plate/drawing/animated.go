package drawing

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/png"
	"time"
)

// Animated writes pictures of one size as one PNG that moves (Portable Network Graphics, Third
// Edition, W3C 2025, clause 11.3.6): each stands for a time, and the whole begins again for ever. Of each picture only the rectangle
// that differs from the one before is written.
func Animated(frames []*image.RGBA, each time.Duration) ([]byte, error) {
	if len(frames) == 0 || each <= 0 || each > time.Minute {
		return nil, fmt.Errorf("write a moving picture: %d pictures of %v each", len(frames), each)
	}
	a := &animation{each: uint16(each.Milliseconds())}
	a.out.WriteString("\x89PNG\r\n\x1a\n")
	for i, f := range frames {
		if f.Rect != frames[0].Rect {
			return nil, fmt.Errorf("write a moving picture: picture %d is of another size", i)
		}
		box := f.Rect
		if i > 0 {
			box = changed(frames[i-1], f)
		}
		var b bytes.Buffer
		if err := png.Encode(&b, f.SubImage(box)); err != nil {
			return nil, fmt.Errorf("write a moving picture: %w", err)
		}
		a.frame(b.Bytes(), box, i == 0, len(frames))
	}
	a.chunk("IEND", nil)
	return a.out.Bytes(), nil
}

// animation collects the chunks.
type animation struct {
	out    bytes.Buffer
	number uint32 // of fcTL and fdAT chunks so far, in one row
	each   uint16 // ms
}

// chunk adds length, type, data and check (clause 5.3).
func (a *animation) chunk(kind string, data []byte) {
	body := append([]byte(kind), data...)
	a.out.Write(binary.BigEndian.AppendUint32(nil, uint32(len(data))))
	a.out.Write(body)
	a.out.Write(binary.BigEndian.AppendUint32(nil, crc32.ChecksumIEEE(body)))
}

// frame adds a picture that is a PNG by itself: of the first its head and data as they are, of the
// others the data under another name.
func (a *animation) frame(file []byte, box image.Rectangle, first bool, frames int) {
	control := false
	for file = file[8:]; len(file) >= 12; {
		size := binary.BigEndian.Uint32(file)
		kind, data := string(file[4:8]), file[8:8+size]
		file = file[12+size:]
		switch {
		case kind == "IHDR" && first:
			a.chunk(kind, data)
			// num_frames, num_plays: 0 is for ever
			a.chunk("acTL", binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, uint32(frames)), 0))
		case kind == "IDAT" && !control:
			a.control(box)
			control = true
			fallthrough
		case kind == "IDAT":
			if first {
				a.chunk(kind, data)
				continue
			}
			a.chunk("fdAT", append(binary.BigEndian.AppendUint32(nil, a.number), data...))
			a.number++
		}
	}
}

// control adds an fcTL chunk.
func (a *animation) control(box image.Rectangle) {
	b := binary.BigEndian.AppendUint32(nil, a.number) // sequence_number
	a.number++
	for _, v := range []int{box.Dx(), box.Dy(), box.Min.X, box.Min.Y} { // width, height, x_offset, y_offset
		b = binary.BigEndian.AppendUint32(b, uint32(v))
	}
	b = binary.BigEndian.AppendUint16(b, a.each) // delay_num
	b = binary.BigEndian.AppendUint16(b, 1000)   // delay_den
	b = append(b, 0, 0)                          // dispose_op: leave it; blend_op: put in its place
	a.chunk("fcTL", b)
}

// changed is the least rectangle with all that differs, of one pixel where nothing does.
func changed(a, b *image.RGBA) image.Rectangle {
	out := image.Rectangle{}
	r := b.Rect
	for y := r.Min.Y; y < r.Max.Y; y++ {
		from, to := b.PixOffset(r.Min.X, y), b.PixOffset(r.Max.X, y)
		rowA, rowB := a.Pix[from:to], b.Pix[from:to]
		if bytes.Equal(rowA, rowB) {
			continue
		}
		first, last := 0, len(rowA)-1
		for rowA[first] == rowB[first] {
			first++
		}
		for rowA[last] == rowB[last] {
			last--
		}
		out = out.Union(image.Rect(r.Min.X+first/4, y, r.Min.X+last/4+1, y+1))
	}
	if out.Empty() {
		return image.Rect(r.Min.X, r.Min.Y, r.Min.X+1, r.Min.Y+1)
	}
	return out
}
