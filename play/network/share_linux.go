package network

// sharePort: on Linux SO_REUSEADDR is enough, and SO_REUSEPORT would deal the
// packets out instead of giving them to all.
const sharePort = false
