# Build: SQLite is C, so this needs cgo and the C compiler that the image brings. The result is linked statically.
FROM golang:1.26-bookworm AS build
WORKDIR /src
COPY go.mod go.sum ./
RUN go mod download
COPY . .
ENV CGO_ENABLED=1
RUN go build -trimpath -buildvcs=false -tags netgo,osusergo,sqlite_omit_load_extension \
      -ldflags="-s -w -linkmode external -extldflags -static" \
      -o /image/evenpull ./api \
 && mkdir -m 0750 /image/data \
 && mkdir -m 1777 /image/tmp

# Run: the program, a place for its data and nothing else. No shell, no package manager, no root.
FROM scratch
COPY --from=build /image/evenpull /evenpull
COPY --from=build --chown=10001:10001 /image/data /data
COPY --from=build --chown=10001:10001 /image/tmp /tmp
USER 10001:10001
WORKDIR /data
VOLUME /data
ENV EVENPULL_DB=/data/evenpull.db \
    EVENPULL_ADDR=0.0.0.0:8080
EXPOSE 8080
HEALTHCHECK --interval=30s --timeout=5s --start-period=10s --retries=3 \
  CMD ["/evenpull", "--check-health"]
ENTRYPOINT ["/evenpull"]
