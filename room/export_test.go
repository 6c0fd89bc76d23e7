package room

// Forget takes out of a transport what only [Room.SolveAfter] wants of it, which is not kept.
func Forget(t *Transport) { t.gathered = nil }
