package browsertest

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"encoding/base64"
	"math/big"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"sync"
	"testing"
	"time"
)

// Host is the name that the browser reaches the tests' servers by. Every other name under .test works too, which
// gives a second site where a test needs one.
const Host = "garage.test"

// Serve starts h on a free port and returns its address by name, such as http://garage.test:41234.
func Serve(t testing.TB, h http.Handler) string {
	t.Helper()
	srv := httptest.NewServer(h)
	t.Cleanup(srv.Close)
	return Named(t, srv.URL)
}

// ServeTLS is Serve over https, with a certificate that this browser alone trusts.
func ServeTLS(t testing.TB, h http.Handler) string {
	t.Helper()
	srv := httptest.NewUnstartedServer(h)
	srv.TLS = &tls.Config{Certificates: []tls.Certificate{certificate().pair}}
	srv.StartTLS()
	t.Cleanup(srv.Close)
	return Named(t, srv.URL)
}

// Named swaps the host of an address for Host: http://127.0.0.1:8080/x becomes http://garage.test:8080/x.
func Named(t testing.TB, address string) string {
	t.Helper()
	u, err := url.Parse(address)
	if err != nil || u.Host == "" {
		t.Fatalf("browsertest: %q is not an address", address)
	}
	port := u.Port()
	u.Host = Host
	if port != "" {
		u.Host = net.JoinHostPort(Host, port)
	}
	return u.String()
}

type selfMade struct {
	pair tls.Certificate
	pin  string // base64 SHA-256 of the public key, as Chromium's flag wants it
}

// certificate is made anew for each test binary; it cannot fail but for a broken random source.
var certificate = sync.OnceValue(func() selfMade {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		panic(err)
	}
	template := &x509.Certificate{
		SerialNumber: big.NewInt(time.Now().UnixNano()),
		DNSNames:     []string{Host, "*.test"},
		NotBefore:    time.Now().Add(-time.Hour),
		NotAfter:     time.Now().Add(24 * time.Hour),
		KeyUsage:     x509.KeyUsageDigitalSignature,
		ExtKeyUsage:  []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
	}
	der, err := x509.CreateCertificate(rand.Reader, template, template, key.Public(), key)
	if err != nil {
		panic(err)
	}
	cert, err := x509.ParseCertificate(der)
	if err != nil {
		panic(err)
	}
	sum := sha256.Sum256(cert.RawSubjectPublicKeyInfo)
	return selfMade{
		pair: tls.Certificate{Certificate: [][]byte{der}, PrivateKey: key},
		pin:  base64.StdEncoding.EncodeToString(sum[:]),
	}
})
