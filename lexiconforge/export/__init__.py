"""The only place that writes files: tables as CSV, a build with its manifest and credits.

Room: takes finished tables and options; imports the registry of sources for their terms and nothing else
of ours.
"""
