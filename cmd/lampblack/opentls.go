package main

import (
	"bytes"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"io"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"strings"
	"time"

	"lampblack/folder"
)

// seal is TLS for other machines.
type seal struct {
	config *tls.Config
	print  string // SHA-256 of the certificate; "" for one that somebody else vouches for
}

// selfMade asks for a certificate that this computer makes.
const selfMade = "self"

// mostCertificate bounds the files of a certificate.
const mostCertificate = 1 << 20

// openSeal takes the certificate that is asked for.
func openSeal(ctx context.Context, asked string, at net.Addr) (*seal, error) {
	if asked == selfMade {
		return ownSeal(ctx, at)
	}
	certificate, key, cut := strings.Cut(asked, ",")
	if !cut {
		return nil, hinted{fmt.Errorf("--tls %q names no certificate and key", asked), "as --tls hall.pem,hall-key.pem, or --tls self"}
	}
	c, err := folder.ReadFile(ctx, certificate, mostCertificate)
	if err != nil {
		return nil, fmt.Errorf("read the certificate: %w", err)
	}
	k, err := folder.ReadFile(ctx, key, mostCertificate)
	if err != nil {
		return nil, fmt.Errorf("read the key of the certificate: %w", err)
	}
	pair, err := tls.X509KeyPair(c, k)
	if err != nil {
		return nil, fmt.Errorf("--tls %s: %w", asked, err)
	}
	return &seal{config: tlsOf(pair)}, nil
}

func tlsOf(pair tls.Certificate) *tls.Config {
	return &tls.Config{Certificates: []tls.Certificate{pair}, MinVersion: tls.VersionTLS12, NextProtos: []string{"http/1.1"}}
}

// sealFor is how long a certificate of our own holds: Apple's systems take none that holds
// longer than 825 days (from memory).
const sealFor = 800 * 24 * time.Hour

// ownSeal takes the certificate that this computer made for the address, or makes it. It is
// kept, so that a browser that was told to trust it is asked once.
func ownSeal(ctx context.Context, at net.Addr) (*seal, error) {
	host, _, err := net.SplitHostPort(at.String())
	if err != nil {
		return nil, err
	}
	ip := net.ParseIP(host)
	dir, err := privateDir()
	name := filepath.Join(dir, "seal.pem")
	if err == nil {
		if info, no := os.Stat(name); no == nil && private(info) {
			if text, no := folder.ReadFile(ctx, name, mostCertificate); no == nil {
				if pair, no := tls.X509KeyPair(text, text); no == nil && holdsFor(pair, ip) {
					return &seal{tlsOf(pair), fingerprint(pair)}, nil
				}
			}
		}
	}
	text, pair, made := makeSeal(ip)
	if made != nil {
		return nil, fmt.Errorf("make a certificate: %w", made)
	}
	if err == nil {
		err = writePrivate(ctx, name, text)
	}
	if err != nil {
		return nil, hinted{fmt.Errorf("keep the certificate: %w", err), "name your own: --tls hall.pem,hall-key.pem"}
	}
	return &seal{tlsOf(pair), fingerprint(pair)}, nil
}

// holdsFor tells whether a certificate is for the address, for another day at least.
func holdsFor(pair tls.Certificate, ip net.IP) bool {
	return pair.Leaf.VerifyHostname(ip.String()) == nil && time.Now().Add(24*time.Hour).Before(pair.Leaf.NotAfter)
}

func makeSeal(ip net.IP) (text []byte, pair tls.Certificate, err error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, pair, err
	}
	number, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 120))
	if err != nil {
		return nil, pair, err
	}
	now := time.Now()
	c := &x509.Certificate{SerialNumber: number, Subject: pkix.Name{CommonName: "lampblack on " + ip.String()}, NotBefore: now.Add(-24 * time.Hour), NotAfter: now.Add(sealFor),
		IPAddresses: []net.IP{ip}, KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}, BasicConstraintsValid: true}
	der, err := x509.CreateCertificate(rand.Reader, c, c, &key.PublicKey, key)
	if err != nil {
		return nil, pair, err
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return nil, pair, err
	}
	var b bytes.Buffer
	err = errors.Join(pem.Encode(&b, &pem.Block{Type: "CERTIFICATE", Bytes: der}), pem.Encode(&b, &pem.Block{Type: "PRIVATE KEY", Bytes: secret}))
	if err == nil {
		pair, err = tls.X509KeyPair(b.Bytes(), b.Bytes())
	}
	return b.Bytes(), pair, err
}

// fingerprint is how browsers print a certificate's SHA-256.
func fingerprint(pair tls.Certificate) string {
	sum := sha256.Sum256(pair.Certificate[0])
	var b strings.Builder
	for i, octet := range sum {
		if i > 0 {
			b.WriteByte(':')
		}
		fmt.Fprintf(&b, "%02X", octet)
	}
	return b.String()
}

// tell says beforehand what a browser will.
func (s *seal) tell(w io.Writer) {
	if s.print != "" {
		fmt.Fprintf(w, "the browser will warn that the connection is not private, for nobody but this computer vouches for it: look at the certificate there, compare its SHA-256, and go on only if it is\n  %s\n", s.print)
	}
}
