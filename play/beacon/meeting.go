package beacon

import (
	"context"
	"time"

	"lampblack/play/output"
	"lampblack/wire/beacon"
)

// Meeting listens for a run that sends what s says, for so long at most; it sends nothing. It
// is for who would take the lamps from a run.
func Meeting(ctx context.Context, s *output.Sending, within time.Duration) (output.Fault, bool, error) {
	a, err := openAir(beacon.Port)
	if err != nil {
		return output.Fault{}, false, err
	}
	a.listen()
	return meeting(ctx, a, s, within)
}

// heard is a beacon that came.
type heard struct {
	beacon.Beacon
	own bool
}

func meeting(ctx context.Context, a air, s *output.Sending, within time.Duration) (output.Fault, bool, error) {
	ctx, cancel := context.WithTimeout(ctx, within)
	defer cancel()
	came, ended := make(chan heard), make(chan struct{})
	go func() {
		defer close(ended)
		packet := make([]byte, 2048)
		for {
			n, own, err := a.receive(packet)
			if err != nil {
				return
			}
			c, err := beacon.Parse(packet[:n])
			if err != nil {
				continue
			}
			select {
			case came <- heard{c, own}:
			case <-ctx.Done():
				return
			}
		}
	}()
	defer func() { _ = a.Close(); cancel(); <-ended }()
	for {
		select {
		case h := <-came:
			o := other{Beacon: h.Beacon, own: h.own}
			if f, meets := o.meets(s); meets {
				return f, true, nil
			}
		case <-ended:
			return output.Fault{}, false, nil
		case <-ctx.Done():
			return output.Fault{}, false, nil
		}
	}
}
