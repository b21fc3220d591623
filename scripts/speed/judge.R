# The comparison of one trial the way a good R user would do it: all pairs by
# Games-Howell, BCa bootstrap of every pair, Kaplan-Meier with log-rank, and a
# Weibull fit. Needs R with the recommended packages boot and survival.
#   Rscript judge.R burns.csv
suppressPackageStartupMessages({library(boot); library(survival)})
set.seed(1)
d <- read.csv(commandArgs(TRUE)[1])
d$y <- log(d$seconds)
groups <- split(d$y, d$entry)
k <- length(groups)
m <- sapply(groups, mean); v <- sapply(groups, var); n <- lengths(groups)
pairs <- t(combn(k, 2))

games.howell <- apply(pairs, 1, function(p) {
  a <- v[p] / n[p]
  se <- sqrt(sum(a)); nu <- sum(a)^2 / sum(a^2 / (n[p] - 1))
  diff <- m[p[1]] - m[p[2]]
  half <- qtukey(0.95, k, nu) * se / sqrt(2)
  c(diff, diff - half, diff + half, ptukey(sqrt(2) * abs(diff) / se, k, nu, lower.tail = FALSE))
})

# The statistic takes whole index vectors, and boot.ci is given the influence
# values of a difference of means, so that nothing is estimated twice.
bca <- apply(pairs, 1, function(p) {
  x <- groups[[p[1]]]; y <- groups[[p[2]]]; nx <- length(x); ny <- length(y)
  ix <- seq_len(nx); iy <- nx + seq_len(ny)
  b <- boot(c(x, y), function(z, i) sum(z[i[ix]]) / nx - sum(z[i[iy]]) / ny,
            R = 10000, strata = rep(1:2, c(nx, ny)))
  L <- c(x - mean(x), mean(y) - y) * (nx + ny) / rep(c(nx, ny), c(nx, ny))
  boot.ci(b, type = "bca", L = L)$bca[4:5]
})

km <- survfit(Surv(seconds, boiled) ~ entry, d)
lr <- survdiff(Surv(seconds, boiled) ~ entry, d)
wb <- survreg(Surv(seconds, boiled) ~ entry, d)

print(round(t(games.howell), 4)); print(round(t(bca), 4)); print(lr$chisq); print(coef(wb))
