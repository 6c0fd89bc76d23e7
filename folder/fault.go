package folder

import "context"

type faultKey struct{}

// WithFaults returns a context in which every step of an edit asks fault
// first, and fails when it returns an error: tests cut edits off with it.
func WithFaults(ctx context.Context, fault func(step, name string) error) context.Context {
	return context.WithValue(ctx, faultKey{}, fault)
}

func faultOf(ctx context.Context) func(step, name string) error {
	f, _ := ctx.Value(faultKey{}).(func(step, name string) error)
	return f
}

// try asks whether a step may be done.
func (f *Folder) try(step, name string) error {
	if f.fault == nil {
		return nil
	}
	return f.fault(step, name)
}
