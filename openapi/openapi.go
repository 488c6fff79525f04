// Package openapi holds the contract of the HTTP API and the Go types and routes generated from it.
package openapi

import _ "embed"

//go:generate go tool oapi-codegen -config oapi-codegen.yaml openapi.yaml

// Document is the contract, openapi.yaml, as served at /openapi.yaml.
//
//go:embed openapi.yaml
var Document []byte
