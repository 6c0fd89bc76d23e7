// Package admittest signs requests as the pages do, for tests: [Sign]. It shares nothing with
// package admit, so that each holds the other to the standard.
package admittest

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"net/http"
	"time"
)

// Sign signs a request (RFC 9421, by HMAC-SHA256; RFC 9530), with the body that it will send.
func Sign(r *http.Request, id string, key []byte, epoch, nonce string, body []byte, now time.Time) {
	query := "?" + r.URL.RawQuery
	sum := sha256.Sum256(body)
	digest := "sha-256=:" + base64.StdEncoding.EncodeToString(sum[:]) + ":"
	params := fmt.Sprintf(`("@method" "@authority" "@path" "@query" "content-digest");created=%d;nonce="%s";keyid="%s";tag="%s"`, now.Unix(), nonce, id, epoch)
	m := hmac.New(sha256.New, key)
	fmt.Fprintf(m, "\"@method\": %s\n\"@authority\": %s\n\"@path\": %s\n\"@query\": %s\n\"content-digest\": %s\n\"@signature-params\": %s",
		r.Method, r.Host, r.URL.EscapedPath(), query, digest, params)
	r.Header.Set("Content-Digest", digest)
	r.Header.Set("Signature-Input", "sig="+params)
	r.Header.Set("Signature", "sig=:"+base64.StdEncoding.EncodeToString(m.Sum(nil))+":")
}
