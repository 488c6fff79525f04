# How long R's lme4 takes to estimate the variances of a fleet of 30 readings a sled: five gears, three days, two start positions, a
# random effect for each sled's day. Beside it stands BenchmarkPool of internal/calibrate, on fleets of the same size and shape:
#
#   Rscript testdata/timing/lme4.R
#   go test -run '^$' -bench Pool ./internal/calibrate
#
# R and its package lme4 (Bates, Maechler, Bolker and Walker, Journal of Statistical Software 67(1), 2015) have to be installed.
suppressPackageStartupMessages(library(lme4))
set.seed(2)
for (sleds in c(20, 200)) {
  d <- expand.grid(gear = 1:5, start = c(0, 4), day = 1:3, sled = 1:sleds)
  shift <- rnorm(3 * sleds, sd = 0.01)
  d$sledday <- factor(paste(d$sled, d$day))
  d$y <- log(290 - 12 * d$gear) + log1p(-d$start / 34) + shift[as.integer(d$sledday)] + rnorm(nrow(d), sd = 0.007)
  # Each sled's gears and its start position are taken out by a model of its own, as they enter it alone; what is left is pooled.
  d$place <- factor(paste(d$sled, d$gear, d$start))
  few <- sleds <= 20
  took <- system.time(fit <- if (few) lmer(y ~ 0 + place + (1 | sledday), d) else
    lmer(y ~ 0 + factor(gear):factor(start) + (1 | sledday), d))[["elapsed"]]
  v <- as.data.frame(VarCorr(fit))
  cat(sprintf("%d sleds, %d readings%s: %.3f s, %.0f ns/reading; day %.2f %%, reading %.2f %%\n", sleds, nrow(d),
    if (few) "" else " (gears alike on every sled: its own for each would take R too long)", took, 1e9 * took / nrow(d), 100 * v$sdcor[1], 100 * v$sdcor[2]))
}
