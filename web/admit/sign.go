package admit

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"net/http"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// The headers of a signed request (RFC 9421, 4.1 and 4.2; RFC 9530, 2).
const (
	inputHeader  = "Signature-Input"
	sumHeader    = "Signature"
	digestHeader = "Content-Digest"
)

// covered are the components of a request that every signature covers, in this order.
const covered = `("@method" "@authority" "@path" "@query" "content-digest")`

// input is the one form of Signature-Input that is taken: a gate that reads all that the
// standard allows would read what nobody sends.
var input = regexp.MustCompile(`^sig=(` + regexp.QuoteMeta(covered) + `;created=([0-9]{1,12});nonce="([A-Za-z0-9_-]{16,64})";keyid="([a-z0-9-]{1,40})";tag="([a-z0-9]{1,40})")$`)

// proof is what a request says of its signature.
type proof struct {
	params              string // as signed
	created             time.Time
	nonce, keyID, epoch string
	sum                 []byte
}

// proofOf reads the signature of a request; false when it has none, or none that is whole.
func proofOf(r *http.Request) (proof, bool) {
	m := input.FindStringSubmatch(r.Header.Get(inputHeader))
	if m == nil {
		return proof{}, false
	}
	text, cut := strings.CutPrefix(r.Header.Get(sumHeader), "sig=:")
	text, end := strings.CutSuffix(text, ":")
	sum, err := base64.StdEncoding.DecodeString(text)
	seconds, no := strconv.ParseInt(m[2], 10, 64)
	if !cut || !end || err != nil || no != nil {
		return proof{}, false
	}
	return proof{m[1], time.Unix(seconds, 0), m[3], m[4], m[5], sum}, true
}

// fits tells whether the request was signed with the key, body and all.
func (p *proof) fits(key []byte, r *http.Request, body []byte) bool {
	d := digest(body)
	return r.Header.Get(digestHeader) == d && hmac.Equal(p.sum, sum(key, base(r, d, p.params)))
}

// base is the text that is signed (RFC 9421, 2.5).
func base(r *http.Request, digest, params string) string {
	return lines([][2]string{
		{"@method", r.Method}, {"@authority", strings.ToLower(r.Host)}, {"@path", r.URL.EscapedPath()}, {"@query", "?" + r.URL.RawQuery},
		{"content-digest", digest}, {"@signature-params", params},
	})
}

func lines(of [][2]string) string {
	var b strings.Builder
	for i, l := range of {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(`"` + l[0] + `": ` + l[1])
	}
	return b.String()
}

// digest is the value of Content-Digest.
func digest(body []byte) string {
	d := sha256.Sum256(body)
	return "sha-256=:" + base64.StdEncoding.EncodeToString(d[:]) + ":"
}

func sum(key []byte, text string) []byte {
	h := hmac.New(sha256.New, key)
	h.Write([]byte(text))
	return h.Sum(nil)
}

// deviceKey is the key that a device and this computer make of a code and of the nonce
// that the device chose.
func deviceKey(code, nonce string) []byte { return sum([]byte(code), "lampblack device key\n"+nonce) }
