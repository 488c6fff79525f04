package main

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/openapi"
)

// GetHealth says that the process is alive.
func (s *server) GetHealth(c echo.Context) error {
	return itIsWell(c)
}

// GetReady says whether the database answers.
func (s *server) GetReady(c echo.Context) error {
	if err := s.book.Ready(c.Request().Context()); err != nil {
		return err
	}
	return itIsWell(c)
}

func itIsWell(c echo.Context) error {
	c.Response().Header().Set("Cache-Control", "no-store")
	return c.JSON(http.StatusOK, openapi.Status{Status: openapi.StatusStatusOk})
}

// GetContractAsJSON serves the same document for those who read JSON only.
func (s *server) GetContractAsJSON(c echo.Context, _ openapi.GetContractAsJSONParams) error {
	return reply.Send(c, reply.Of(reply.TypeJSON, s.contract.AsJSON))
}

// GetContract serves the contract as it was built in.
func (s *server) GetContract(c echo.Context, _ openapi.GetContractParams) error {
	return reply.Send(c, reply.Of(reply.TypeYAML, openapi.Document))
}
