package main

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"net/url"

	"lampblack/rig/bench"
)

// benchAnswers is a walk that was broken off, in nights/bench-UNIT.json.
type benchAnswers struct {
	Type    string         `json:"type"` // a sum of its file: of another, the answers mean nothing
	Mode    string         `json:"mode"`
	Answers []bench.Answer `json:"answers"`
}

func (b *onBench) file() string {
	return nightsDir + "/bench-" + url.PathEscape(b.unit.Name.Name) + ".json"
}

// typeSum is a sum of the type as it stands.
func typeSum(l *loaded, b *onBench) string {
	data, err := l.folder.Optional("fixtures/" + b.unit.Type.ID + ".yaml")
	if err != nil || len(data) == 0 {
		data = []byte(b.unit.Type.ID)
	}
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:8])
}

// keptAnswers are those of a walk on the same type and mode that was broken off.
func keptAnswers(l *loaded, b *onBench) []bench.Answer {
	data, err := l.folder.Optional(b.file())
	if err != nil || len(data) == 0 {
		return nil
	}
	var was benchAnswers
	if json.Unmarshal(data, &was) != nil || was.Type != typeSum(l, b) || was.Mode != b.modeName || len(was.Answers) > 1000 {
		return nil
	}
	return was.Answers
}

func keepAnswers(l *loaded, b *onBench, answers []bench.Answer) error {
	data, err := json.MarshalIndent(benchAnswers{typeSum(l, b), b.modeName, answers}, "", " ")
	if err != nil {
		return err
	}
	e := l.folder.Edit()
	e.Put(b.file(), append(data, '\n'))
	return unlessChanged(e.Commit())
}

// forgetAnswers ends a walk that was gone through.
func forgetAnswers(l *loaded, b *onBench) error {
	if data, err := l.folder.Optional(b.file()); err != nil || len(data) == 0 {
		return nil
	}
	e := l.folder.Edit()
	e.Remove(b.file())
	return unlessChanged(e.Commit())
}
