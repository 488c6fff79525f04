package main

import (
	"context"
	"crypto/tls"
	"fmt"
	"net"
	"net/http"
	"time"
)

// checkHealth asks the program that was started with these settings whether it is alive. On this machine itself its
// certificate is not looked at: it is made out for the name that others know it by.
func checkHealth(ctx context.Context, set settings) error {
	ctx, cancel := context.WithTimeout(ctx, 5*time.Second)
	defer cancel()
	address := reachable(set.Addr)
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, scheme(set.TLSCert != "")+"://"+address+"/healthz",
		nil)
	if err != nil {
		return fmt.Errorf("asking %s: %w", set.Addr, err)
	}
	transport := &http.Transport{TLSClientConfig: &tls.Config{MinVersion: tls.VersionTLS12,
		InsecureSkipVerify: isThisMachine(address)}}
	defer transport.CloseIdleConnections()
	response, err := (&http.Client{Transport: transport}).Do(request)
	if err != nil {
		return err
	}
	defer response.Body.Close()
	if response.StatusCode != http.StatusOK {
		return fmt.Errorf("%s answers %s", set.Addr, response.Status)
	}
	return nil
}

func isThisMachine(address string) bool {
	host, _, err := net.SplitHostPort(address)
	return err == nil && (host == "localhost" || net.ParseIP(host).IsLoopback())
}
