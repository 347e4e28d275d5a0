"""Analytics results to figures. It must not import Django or models, and computes no statistic."""
