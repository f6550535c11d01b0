"""JupyterLab with settings of its own, in which a worksheet runs as soon as it opens."""

from workbook.lab.launch import command, environment, fill, start

__all__ = ["command", "environment", "fill", "start"]
