package web_test

import (
	"fmt"
	"log"
	"net/http/httptest"

	"lampblack/check/checktest"
	"lampblack/web"
	"lampblack/web/admit"
)

// The book answers on this machine's own names, and to no other; who asks for more than
// the empty page brings the key of its user.
func Example() {
	s := checktest.Booth(`looks:
  white: {parts: [{system: all, emitters: {white: 80 %}}]}
cues:
  - {cue: 1, at: 0:01, look: white, up: 2 s}
`)
	book, err := web.New(web.Options{Show: s, Gate: admit.New(admit.Options{Own: "thekeyofthiscomputer"})})
	if err != nil {
		log.Fatal(err)
	}
	defer book.Close()
	for _, ask := range [][3]string{
		{"GET", "http://127.0.0.1:8512/", ""}, {"GET", "http://elsewhere.example/", ""},
		{"POST", "http://127.0.0.1:8512/api/control/go", ""}, {"POST", "http://127.0.0.1:8512/api/control/go", "Bearer thekeyofthiscomputer"},
	} {
		answer, asked := httptest.NewRecorder(), httptest.NewRequest(ask[0], ask[1], nil)
		asked.Header.Set("Authorization", ask[2])
		book.Handler().ServeHTTP(answer, asked)
		fmt.Println(ask[0], ask[1], answer.Result().Status)
	}
	// Output:
	// GET http://127.0.0.1:8512/ 200 OK
	// GET http://elsewhere.example/ 403 Forbidden
	// POST http://127.0.0.1:8512/api/control/go 401 Unauthorized
	// POST http://127.0.0.1:8512/api/control/go 409 Conflict
}
