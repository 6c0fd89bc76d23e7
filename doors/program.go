package doors

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strings"
)

// mostSaid bounds what a program of the system may print.
const mostSaid = 4 << 20

// said is what a program of the system prints, asked for in English; ErrCannotAsk where
// there is no such program. It ends with the context.
func said(ctx context.Context, name string, args ...string) (string, error) {
	path, err := exec.LookPath(name)
	if err != nil {
		return "", ErrCannotAsk
	}
	c := exec.CommandContext(ctx, path, args...)
	c.Env = append(os.Environ(), "LC_ALL=C", "LANG=C")
	var out limited
	c.Stdout = &out
	c.WaitDelay = mostWait / 6 // for children that keep the pipe open
	if err := c.Run(); err != nil {
		if ctx.Err() != nil {
			return "", errors.New(name + " does not answer")
		}
		return "", fmt.Errorf("%s: %w", name, err)
	}
	return out.String(), nil
}

// limited keeps the beginning of what is written.
type limited struct{ strings.Builder }

func (l *limited) Write(p []byte) (int, error) {
	if room := mostSaid - l.Len(); room > 0 {
		l.Builder.Write(p[:min(len(p), room)])
	}
	return len(p), nil
}
