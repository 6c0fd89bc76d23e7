package soundfile

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
)

// helperProgram decodes what is not read here.
const helperProgram = "ffmpeg"

// openHelper hands the file to ffmpeg and reads the WAV that it makes. A source
// without a path is copied to a temporary file, because many containers cannot
// be read from a pipe.
func openHelper(ctx context.Context, src *source, path string, why error) (Stream, error) {
	program, err := exec.LookPath(helperProgram)
	if err != nil {
		return nil, fmt.Errorf("%w; the program %s may know it, but is not installed", why, helperProgram)
	}
	d := &helperDecoder{}
	if path == "" {
		if path, err = copyToTemp(src); err != nil {
			return nil, fmt.Errorf("copy for %s: %w", helperProgram, err)
		}
		d.temp = path
	}
	wav, err := d.start(ctx, program, path)
	if err != nil {
		d.close()
		return nil, fmt.Errorf("%w; %s says: %w", why, helperProgram, err)
	}
	// Only the decoder is taken of the WAV's stream: the helper needs its own way to close and
	// its own remarks.
	f := wav.Format()
	f.Codec = helperProgram
	d.wav = wav.(*pcm).dec
	return newStream(f, d)
}

// copyToTemp gives the helper a file: it seeks in some formats, which it could not in a pipe.
func copyToTemp(src *source) (path string, err error) {
	f, err := os.CreateTemp("", "lampblack-sound-*")
	if err != nil {
		return "", err
	}
	err = src.seek(0)
	if err == nil {
		_, err = io.Copy(f, src)
	}
	if err = errors.Join(err, f.Close()); err != nil {
		os.Remove(f.Name())
		return "", err
	}
	return f.Name(), nil
}

// helperFormats are the containers that ffmpeg may read: those of sound, and of
// films with sound. Left to itself it also takes text for sound, and playlists
// that open other files.
const helperFormats = "aac,ac3,aiff,amr,ape,asf,au,avi,caf,dsf,dts,eac3,flac,flv,gsm,iff,loas,matroska,mov,mp3,mpc,mpc8," +
	"mpeg,mpegts,mxf,nut,ogg,oma,rm,shn,tak,truehd,tta,voc,w64,wav,wv,xwma"

// helperDecoder is a running ffmpeg.
// Everything is owned by the reader of the stream but words, which the program's output
// writes to from a goroutine of package exec.
type helperDecoder struct {
	wav    decoder
	temp   string // file to remove
	cancel context.CancelFunc
	cmd    *exec.Cmd
	words  lastWords
	waited bool
	note   []string
}

// start runs the program and reads the header of what it writes. Only local files
// may be opened, whatever a playlist in the file says.
func (d *helperDecoder) start(ctx context.Context, program, path string) (Stream, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	ctx, cancel := context.WithCancel(ctx)
	d.cancel = cancel
	d.cmd = exec.CommandContext(ctx, program, "-nostdin", "-v", "error", "-protocol_whitelist", "file",
		"-format_whitelist", helperFormats, "-i", "file:"+path, "-map", "0:a:0", "-c:a", "pcm_f32le", "-f", "wav", "pipe:1")
	d.cmd.Stderr = &d.words
	out, err := d.cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := d.cmd.Start(); err != nil {
		d.cmd = nil
		return nil, err
	}
	wav, err := openWAV(pipeSource(out))
	if err != nil {
		d.wait()
		if words := d.words.String(); words != "" {
			return nil, errors.New(words)
		}
		return nil, errors.New("no sound in the file")
	}
	return wav, nil
}

// next reads the WAV that the helper writes. Whether that ended as it should is known only
// when the helper has, so a failure is told after the sound.
func (d *helperDecoder) next() ([]float32, error) {
	block, err := d.wav.next()
	if errors.Is(err, io.EOF) {
		if failed := d.wait(); failed != nil {
			d.note = append(d.note, fmt.Sprintf("%s stopped early: %s", helperProgram, d.words.String()))
		}
	}
	return block, err
}

// wait waits for the program once; to wait twice is an error of package exec.
func (d *helperDecoder) wait() error {
	if d.cmd == nil || d.waited {
		return nil
	}
	d.waited = true
	return d.cmd.Wait()
}

func (d *helperDecoder) remarks() []string { return d.note }

// close ends the program; that it was killed is no error.
func (d *helperDecoder) close() error {
	if d.cancel != nil {
		d.cancel()
	}
	d.wait()
	if d.temp != "" {
		return os.Remove(d.temp)
	}
	return nil
}

// lastWords keeps the end of what a program says.
type lastWords struct {
	mu   sync.Mutex
	text []byte
}

func (w *lastWords) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	const most = 4096
	w.text = append(w.text, p...)
	if extra := len(w.text) - most; extra > 0 {
		w.text = w.text[extra:]
	}
	return len(p), nil
}

// String returns the last line.
func (w *lastWords) String() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	lines := strings.Split(strings.TrimSpace(string(w.text)), "\n")
	return strings.TrimSpace(lines[len(lines)-1])
}
