package manual_test

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lampblack/rig/manual"
)

// big are texts as long as any that is looked at, each of one kind.
func big() map[string]string {
	r := rand.New(rand.NewPCG(1, 2))
	var words strings.Builder
	for words.Len() < 300_000 {
		for range 3 + r.IntN(9) {
			words.WriteByte(byte('a' + r.IntN(26)))
		}
		words.WriteByte(" \n\t,;-"[r.IntN(6)])
	}
	return map[string]string{
		"words":   words.String(),
		"numbers": strings.Repeat("7 ", 150_000),
		"lines":   strings.Repeat("7\n", 150_000),
		"ranges":  "CH1 red " + strings.Repeat("0-9 off, ", 30_000),
		"slots":   strings.Repeat("CH1-512 red green\n", 15_000),
		"table":   strings.Repeat("1\t0-255\tRed\tx\n", 15_000),
		"counts":  strings.Repeat("6 channel mode 3\n", 15_000),
		"tags":    strings.Repeat("<td rowspan=99>", 20_000),
		"letters": strings.Repeat("RGBW", 60_000),
		"talk":    "1 red\n2 strobe\n3 auto\n" + strings.Repeat("sorry: on 2 from 9 slow. 3 = blue, 4 ch the same but only 1 to 2\n", 5_000),
		"beside":  strings.Repeat("1 = red     1 = blue\n2 = green     2 = white\n", 7_000),
		"dots":    strings.Repeat(". ", 150_000),
	}
}

// The longest text of every kind is read within bounds: BenchmarkRead tells the time beside that
// of all the tables that people have.
func BenchmarkRead(b *testing.B) {
	for name, text := range big() {
		b.Run(name, func(b *testing.B) {
			for range b.N {
				manual.Read([]byte(text))
			}
		})
	}
	b.Run("tables", func(b *testing.B) {
		files, _ := filepath.Glob("testdata/tables/*.[tc][xs][tv]")
		for range b.N {
			for _, f := range files {
				data, _ := os.ReadFile(f)
				manual.Read(data)
			}
		}
	})
}

// What lies beyond the bounds is left out, and told.
func TestTooMuch(t *testing.T) {
	for name, text := range big() {
		o := manual.Read([]byte(text))
		told := false
		for _, q := range o.Questions {
			told = told || strings.Contains(q.Text, "left out")
		}
		if !told {
			t.Errorf("%s: nobody is told that its end was left out", name)
		}
	}
}
