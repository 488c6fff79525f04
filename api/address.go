package main

import "net"

// pageAddress is where a browser on this machine finds the page.
func pageAddress(addr net.Addr, https bool) string {
	return scheme(https) + "://" + reachable(addr.String()) + "/"
}

func scheme(https bool) string {
	if https {
		return "https"
	}
	return "http"
}

// reachable turns an address that means "every interface" into one that can be asked.
func reachable(addr string) string {
	host, port, err := net.SplitHostPort(addr)
	if err != nil {
		return addr
	}
	if ip := net.ParseIP(host); host == "" || (ip != nil && ip.IsUnspecified()) {
		host = "127.0.0.1"
	}
	return net.JoinHostPort(host, port)
}
