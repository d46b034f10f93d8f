//! Engines for material, load, queues, crews and line balancing.
