// Package admit says who may come to the pages of a run, and what they may do
// there: make a [Gate] with the key of this computer's user, ask it about each
// request, and it answers who asks, or why not.
//
// Every request is signed with a key that both sides hold and that never goes
// over the network: HTTP Message Signatures (RFC 9421) by HMAC-SHA256, over
// method, address, path, query and the digest of the body (RFC 9530), with the
// time, a nonce that is taken once, and the name of the run that answers.
//
//	link on the laptop  …/focus#pair=CODE      a fragment is not sent (RFC 3986, 3.5)
//	phone  ── POST /api/pair, signed with the code, nonce N ─▶  the code is used up
//	both   key = HMAC(code, "lampblack device key" N)
//	phone  ── every request signed with the key ─▶  who, and what they may do
//
// What it cannot do: what is sent is signed and not hidden, and a page that comes
// by plain http may have been changed on its way by who sits in the network. TLS
// closes both.
package admit
