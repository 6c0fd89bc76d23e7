package timecode_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"lampblack/wire/outside"
	"lampblack/wire/timecode"
)

func eightBits(s []float32) []byte {
	b := make([]byte, len(s))
	for i, x := range s {
		b[i] = byte(128.5 + float64(127*x))
	}
	return b
}

// libltc is an independent reader of linear time code. It passes a frame on
// once it has seen the edge after it.
const libltcReader = `
int main(int argc, char **argv) {
  LTCDecoder *d = ltc_decoder_create(atoi(argv[1]), 64);
  static ltcsnd_sample_t buf[1024];
  LTCFrameExt f; SMPTETimecode t; size_t n; long total = 0; int parity;
  while ((n = fread(buf, 1, sizeof buf, stdin)) > 0) {
    ltc_decoder_write(d, buf, n, total);
    total += n;
    while (ltc_decoder_read(d, &f)) {
      ltc_frame_to_time(&t, &f.ltc, 0);
      LTCFrame again = f.ltc;
      ltc_frame_set_parity(&again, atoi(argv[2]) ? LTC_TV_625_50 : LTC_TV_525_60);
      parity = memcmp(&again, &f.ltc, sizeof again) == 0;
      printf("%02d:%02d:%02d%c%02d parity %d user %lx start %lld\n", t.hours, t.mins, t.secs, f.ltc.dfbit ? ';' : ':', t.frame,
        parity, ltc_frame_get_user_bits(&f.ltc), (long long)f.off_start);
    }
  }
  return 0;
}`

func TestLibltcReads(t *testing.T) {
	reader := outside.Compile(t, "libltc-dev", "ltc.h", "ltc", libltcReader)
	for _, r := range timecode.Rates {
		start := parse(t, r, "09:59:57:10")
		s := render(t, timecode.EncoderOptions{Start: start, SampleRate: 48000, Frames: 150, User: 0xCAFE1234, Level: 0.9})
		is25 := "0"
		if r == timecode.Rate25 {
			is25 = "1"
		}
		out := outside.RunWith(t, eightBits(s), reader, "1920", is25)
		lines := strings.Split(strings.TrimSpace(out), "\n")
		if len(lines) < 149 {
			t.Fatalf("%v: libltc read %d of 150 frames", r, len(lines))
		}
		for i, line := range lines {
			want := fmt.Sprintf("%v parity 1 user cafe1234 ", start.Add(int64(i)))
			if !strings.HasPrefix(line, want) {
				t.Fatalf("%v: libltc read %q, want %q", r, line, want)
			}
		}
	}
}

// The other way round: libltc writes, with its own filter on the edges, and
// our decoder reads.
const libltcWriter = `
int main(int argc, char **argv) {
  double fps = atof(argv[1]);
  int is25 = fps == 25.0, drop = atoi(argv[2]), i, n;
  LTCEncoder *e = ltc_encoder_create(48000, fps, is25 ? LTC_TV_625_50 : fps == 24.0 ? LTC_TV_FILM_24 : LTC_TV_525_60, 0);
  SMPTETimecode t; memset(&t, 0, sizeof t);
  strcpy(t.timezone, "+0000");
  t.hours = 9; t.mins = 59; t.secs = 57; t.frame = 10;
  ltc_encoder_set_timecode(e, &t);
  if (drop) { LTCFrame f; ltc_encoder_get_frame(e, &f); f.dfbit = 1; ltc_encoder_set_frame(e, &f); }
  for (i = 0; i < 150; i++) {
    ltcsnd_sample_t *buf;
    ltc_encoder_encode_frame(e);
    buf = ltc_encoder_get_bufptr(e, &n, 1);
    fwrite(buf, 1, n, stdout);
    ltc_encoder_inc_timecode(e);
  }
  return 0;
}`

func TestWeReadLibltc(t *testing.T) {
	writer := outside.Compile(t, "libltc-dev", "ltc.h", "ltc", libltcWriter)
	for r, args := range map[timecode.Rate][]string{timecode.Rate24: {"24", "0"}, timecode.Rate25: {"25", "0"},
		timecode.Rate2997Drop: {"29.97002997", "1"}, timecode.Rate30: {"30", "0"}} {
		raw := outside.Run(t, writer, args...)
		s := make([]float32, len(raw))
		for i := range s {
			s[i] = (float32(raw[i]) - 128) / 127
		}
		start := parse(t, r, "09:59:57:10")
		got := decode(48000, s)
		if len(got) < 148 {
			t.Errorf("%v: read %d of 150 frames", r, len(got))
		}
		for i, f := range got {
			if want := start.Add(f.Count() - start.Count()); f.Time != want || f.Rate != r || i > 0 && f.Time != got[i-1].Add(1) {
				t.Fatalf("%v: frame %d is %v (%v)", r, i, f.Time, f.Rate)
			}
		}
	}
}

// Two hours at each rate, without one wrong or missing frame.
func TestTwoHours(t *testing.T) {
	if os.Getenv("LAMPBLACK_LONG") == "" {
		t.Skip("two hours of timecode left out: set LAMPBLACK_LONG=1")
	}
	for _, r := range timecode.Rates {
		t.Run(r.String(), func(t *testing.T) {
			t.Parallel()
			start := r.Frame(r.Day() - r.Frames(3600e9)) // an hour before midnight
			frames := r.Frames(7200e9)
			e, err := timecode.NewEncoder(timecode.EncoderOptions{Start: start, SampleRate: 48000, Frames: frames})
			if err != nil {
				t.Fatal(err)
			}
			d := timecode.NewDecoder(48000)
			got, worst := int64(0), 0.0
			num, den := r.Fraction()
			chunk := make([]float32, 48000)
			for n := e.Read(chunk); n > 0; n = e.Read(chunk) {
				d.Feed(chunk[:n], func(f timecode.Received) {
					if f.Time != start.Add(got) || f.Rate != r {
						t.Errorf("frame %d is %v (%v), want %v", got, f.Time, f.Rate, start.Add(got))
					}
					off := f.Start - float64(got*48000*den)/float64(num)
					worst = max(worst, off, -off)
					got++
				})
			}
			if got != frames {
				t.Errorf("read %d frames, want %d", got, frames)
			}
			if worst > 0.5 {
				t.Errorf("a frame's start is %.2f samples off, want at most half a sample", worst)
			}
			t.Logf("%d frames, each at its place within %.3f samples", got, worst)
		})
	}
}
