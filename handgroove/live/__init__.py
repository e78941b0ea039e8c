"""The stage: ports, clock, tempo, note ledger, engine, controls, screen and takes.

The engine is a core without clock or ports: time and messages in, messages out. Everything that touches the
world (clock.py, ports.py, shell.py, sidecar.py) is a thin shell around it.
"""
